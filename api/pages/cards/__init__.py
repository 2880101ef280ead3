"""The cards of the bench: one job, from the written recipe to the cut slab, a page for each step.

Every card is a GET whose query is the whole job (`fields`), so that its address can be kept, sent and printed. `job`
reads it with the reader of `/v1/formulas/read` and computes it as `/v1/rescale` does. A card is a module with a route,
a function that makes the values of its template from the answer, and a template in `templates/cards`; its title stands
in `head.TITLES`, its route in `routes`.
"""
