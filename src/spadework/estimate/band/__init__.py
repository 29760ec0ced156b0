"""Where the band lies, and what it does over the weeks."""
