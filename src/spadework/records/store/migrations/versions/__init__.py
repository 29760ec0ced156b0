"""One module a version.  A version that was released is never edited; the next one changes what must change."""
