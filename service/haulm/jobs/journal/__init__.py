"""The journal in plain words, and taking back what was written."""
