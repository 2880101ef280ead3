"""Server-rendered HTML pages. They need no script and load nothing from other hosts."""
