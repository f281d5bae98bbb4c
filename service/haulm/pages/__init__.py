"""Pages in a browser: each asks a job and shows what it says. No arithmetic, no storage, no scripts needed."""
