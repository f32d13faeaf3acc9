"""Bar codes of the fit stage: a text becomes a symbol, a symbol becomes whole dots in a box."""
