"""Tables that people fill in: columns as data, one reader, workbooks."""
