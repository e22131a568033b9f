"""Commands of whoever installs the site."""
