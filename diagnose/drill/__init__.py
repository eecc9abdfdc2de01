"""The drill: a rig with a hidden fault that answers as a real one, and an examiner.

    words                     how people in the trade say what they do
    naming  jumpers  acts     from "volts 30 87 calling" to a test, or to what must be stopped
    offers                    what can be done, as it is typed
    hidden  choosing  told    which fault, how far gone, and how a customer tells it
    scenario                  a rig with its fault and its complaint, repeatable by its seed
    session                   the trainee at work: acts in, answers and minutes out
    moves  path  debrief      what each act ruled out; what the walk would have done
    choices  marks            the conclusion and what it is worth
    record  progress          a trainee's file; what was missed and is due again
    expert                    drills played by the walk itself, and at random

Nothing here draws or prints.
"""
