"""Pages for paper: what they say, as data; and the same data as PDF and as HTML."""
