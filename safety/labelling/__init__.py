"""Labels: what they say, how large they are, what goes on which face, where a face lies on its sheet.

``hazard_part`` says what a classification puts on a label, ``wording`` puts a label into words,
``faces`` lays the words out, ``sheets`` places faces on paper. Nothing is made smaller than
``sizes`` allows and nothing is left out: what does not fit goes to a further face, and the builder
says so.
"""
