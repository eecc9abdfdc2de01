"""The shop's memory: finished repairs as plain files, and what is learned from them."""
