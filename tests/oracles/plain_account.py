"""A customer's account reckoned in whole cents, as somebody with a pencil would; knows nothing of steadyrest.

charges: (number, job, cents). moves: (kind, cents, invoice or None, job or None). Gives what is open by invoice, and
all money held.
"""

from __future__ import annotations


def reckon(charges, moves):
    open_by = {number: cents for number, _job, cents in charges}
    over = loose = 0
    box: dict[int, int] = {}
    for kind, cents, invoice, job in moves:
        if kind == "deposit asked":
            continue
        if kind == "given back":
            if job is None:
                loose -= cents
            else:
                box[job] = box.get(job, 0) - cents
        elif invoice is not None:
            open_by[invoice] -= cents
            loose -= cents if kind == "set off" else 0
        elif job is not None:
            box[job] = box.get(job, 0) + cents
        else:
            loose += cents
    for number, job, _cents in sorted(charges):
        if open_by[number] < 0:
            over -= open_by[number]
            open_by[number] = 0
        use = min(max(box.get(job, 0), 0), open_by[number])
        open_by[number] -= use
        if job in box:
            box[job] -= use
    return open_by, loose + over + sum(box.values())
