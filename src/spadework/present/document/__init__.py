"""What every page and print is made of: blocks, the page, the print, and the workings behind figures."""
