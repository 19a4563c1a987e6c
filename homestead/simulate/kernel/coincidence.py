"""What may run at one moment: the loads of an hour packed into the power there is.

Within an hour a load runs at its full power for its share of the hour. Loads go in by priority,
the larger first, each into the part of the hour where most power is free: so they are shifted
within the hour as people and thermostats do. What finds no room is refused. Pump, hot water and
cooling come after, in the hour itself, beside the mean of what runs by then. Electric heaters are
held to the power that is left, since they are staged.
"""

import numpy as np

from homestead.simulate.kernel.compile import compiled, within
from homestead.simulate.records import TINY

PRIORITIES_N = 3


@within
def put(power_w, share, free_w, width, n):
    """Put one load into the hour's free power, fullest part first; returns what ran and the parts.

    `free_w` and `width` (share of the hour) hold `n` parts, most power first; they are updated.
    """
    ran = 0.0
    part = 0
    while share - ran > TINY and part < n and free_w[part] >= power_w - TINY:
        here = min(width[part], share - ran)
        if here < width[part] - TINY:  # the rest of this part stays as it is
            for later in range(n, part, -1):
                free_w[later] = free_w[later - 1]
                width[later] = width[later - 1]
            width[part + 1] = width[part] - here
            width[part] = here
            n += 1
        free_w[part] -= power_w
        ran += here
        part += 1
    for moved in range(1, n):  # parts by free power again
        free, wide = free_w[moved], width[moved]
        place = moved
        while place > 0 and free_w[place - 1] < free:
            free_w[place] = free_w[place - 1]
            width[place] = width[place - 1]
            place -= 1
        free_w[place] = free
        width[place] = wide
    return ran, n


@compiled
def refused_of(room_w, kind, power_w, share, priority):
    """Mean power of each priority that finds no room, array of shape (hours, 3). [W].

    room_w (float array of shape (hours,)) : Power that there is at any moment of the hour. [W]
    kind (int array of shape (hours,)) : Which row of `share` an hour follows.
    power_w (float array of shape (loads,)) : At full power, in the order in which they go in. [W]
    share (float array of shape (kinds, loads)) : Of the hour; above 1 where several of a kind run
        at once.
    priority (int array of shape (loads,)) : 0, 1 or 2.
    """
    refused = np.zeros((room_w.size, PRIORITIES_N))
    loads_n = power_w.size
    peak_w = np.zeros(share.shape[0])
    parts_n = 2 * loads_n + 2
    for row in range(share.shape[0]):
        for load in range(loads_n):
            peak_w[row] += np.ceil(share[row, load] - TINY) * power_w[load]
            parts_n += int(np.ceil(share[row, load]))
    free_w, width = np.empty(parts_n), np.empty(parts_n)
    known_w = np.zeros(share.shape[0]) - 1.0  # room at which a kind of hour was last packed
    known = np.zeros((share.shape[0], PRIORITIES_N))
    for at in range(room_w.size):
        row = kind[at]
        if room_w[at] >= peak_w[row]:
            continue
        if known_w[row] != room_w[at]:
            known_w[row] = room_w[at]
            for rank in range(PRIORITIES_N):
                known[row, rank] = 0.0
            free_w[0] = room_w[at]
            width[0] = 1.0
            n = np.int64(1)
            for load in range(loads_n):
                left = share[row, load]
                while left > TINY:  # several of a kind go in one by one
                    one = min(left, 1.0)
                    ran, n = put(power_w[load], one, free_w, width, n)
                    known[row, priority[load]] += (one - ran) * power_w[load]
                    left -= one
        for rank in range(PRIORITIES_N):
            refused[at, rank] = known[row, rank]
    return refused
