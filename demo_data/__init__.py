"""Invented designs that ship with the program."""
