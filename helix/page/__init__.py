"""The page of helix page: its server, what it answers, and the front end that is built from source/."""
