"""Registers: many points of a plant against a catalogue, and the fewest types of units that serve them all."""
