"""Everything that people read: alphabets, widths, pages, catalogs, and values in the words of a language."""
