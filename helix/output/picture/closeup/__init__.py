"""Close-ups on a picture: which of them, what is drawn into them, and the words on cards round it."""
