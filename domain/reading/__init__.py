"""Reading of recipes as they are written: lines, tins and ovens in people's words, in several languages."""
