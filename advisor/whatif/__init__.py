"""What would change the answer: a site with a few answers changed, evaluated many times a second."""
