"""The papers, one module each. `render` turns a page into a PDF in a limited child process."""
