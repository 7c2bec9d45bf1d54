"""What a person can ask, each told once: its options, study, document, record and files."""
