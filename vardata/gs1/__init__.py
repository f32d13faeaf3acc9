"""GS1 data: element strings in brackets, their table, Digital Links and ready identifiers.

Knows no symbologies and no other part of the program.
"""
