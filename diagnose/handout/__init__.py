"""A page that a customer takes along: one rig's walk, worked out beforehand, without a server.

bins            a reading cut where it parts the repairs, each bin by one value
tree, growing   the questions of the walk along every likely answer; all trees of a page
ending          what a branch of the page comes to, in words
packing, page   the trees as compact data; the one file with it
code, taking    the answers as a line of text with its check; the same as a walk again
"""
