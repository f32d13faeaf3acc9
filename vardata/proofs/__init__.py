"""Proofs: pages that a person looks at and signs before ink is spent."""
