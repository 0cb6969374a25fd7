"""Values from outside: datagrams, standard input, recordings."""
