"""Try-outs: whether a drill works for somebody, told by a start that is drawn."""
