"""Fits: likelihoods, least squares, predictive distributions, response tables. Arrays in, arrays out."""
