"""Pools of stems as the pass needs them: grouped, laid out, counted."""
