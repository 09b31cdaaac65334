"""Reports in, one published snapshot out. See DEVELOPERS.md for where to change what."""
