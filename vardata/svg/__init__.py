"""SVG as geometry: its tree, numbers, shapes, paths, viewports, and elements found by their ids.

Knows no inks and no other part of the program.
"""
