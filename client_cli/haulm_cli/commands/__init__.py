"""The client's commands, one file per job."""
