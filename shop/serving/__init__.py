"""The start of the server: everything that happens between `script/server` and the first page."""
