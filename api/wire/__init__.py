"""How requests are read and how answers become bytes."""
