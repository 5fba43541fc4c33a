"""Label strips, and each bay drawn front and rear."""
