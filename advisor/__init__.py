"""siteworthy: what a unit must be to live at one point of a plant, and whether a spec sheet shows that it is."""

__version__ = "0.1.0"
