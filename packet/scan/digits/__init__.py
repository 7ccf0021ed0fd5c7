"""Written digits: a small recognizer, the comb boxes they stand in, and what is proposed from them."""
