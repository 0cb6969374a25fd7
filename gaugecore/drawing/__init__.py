"""Elements and the writers that put them on a medium; knows no faces and no panels."""
