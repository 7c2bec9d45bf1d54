"""Series, roots and integrals that the geometry stands on."""
