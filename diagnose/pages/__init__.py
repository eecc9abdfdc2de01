"""What every face says of a walk: question, stop, result and reasons as blocks, built once.

The terminal and the web pages print them; neither decides what is said.
"""
