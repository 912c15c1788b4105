"""What the pages of the office and of the decider share: who is asking, forms, words, shapes, limits."""
