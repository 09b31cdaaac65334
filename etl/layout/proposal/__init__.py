"""What is written into a proposed layout; :mod:`etl.layout.suggest` puts the parts in order.

Each part writes what speaks for itself, marks what is only likely, and asks for what nobody can know from the file.
"""
