"""The forms of the site, a module for each group of pages."""
