"""The site, and the people in it."""
