"""Pages to read and print: the handbook of the knowledge, and the report of one case.

    lessons                    the circuits explained (knowledge/lessons.yaml)
    telling_apart              which test tells two failure modes apart, from the predictions
    mode_page                  one failure mode as the handbook has it, computed for one rig
    markup  page  search       HTML that escapes by itself; the frame and the look; offline search
    mode_html  entry_html      failure modes, and tests, as HTML
    handbook_html              the handbook as one page
    volts_svg                  the volts along the circuit as a picture
    case_html                  one case on two sheets

Nothing here draws on a terminal, and no page needs the network.
"""
