"""From an empty database to the first answers, a step a page; each may be left out or come back to."""
