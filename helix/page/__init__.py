"""The viewer of helix's pages, built from source/ by scripts/build_page.py; no Python here."""
