"""Effects, executed: what each does to the state, and what must hold for it to be done at all."""
