"""Files of others in and out: photos, position logs, outlines of fields, layouts."""
