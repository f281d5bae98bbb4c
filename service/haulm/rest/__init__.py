"""The REST door: JSON under /v1, one router per question."""
