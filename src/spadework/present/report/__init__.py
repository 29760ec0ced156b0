"""The report of an estimate: one content, shown as a page and as a print."""
