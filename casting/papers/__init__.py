"""Papers of a day: `sheets` has a module for each paper, `pdf` turns its page into a PDF in a limited child process."""
