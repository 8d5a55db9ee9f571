"""The orders of a block written another way: as one list of what is still to do, taken from in turn.

Shares no code with programming.calc.stepper. A task is [round, item, left]; a set takes from the task that the
order puts first.
"""

from math import inf, isinf


def tasks_of(amounts, rounds, rung=lambda number: 1.0, in_turn=False):
    """Everything to do in `rounds` rounds, in written order."""
    return [
        [number, index, amount * rung(number)]
        for number in range(rounds)
        for index, amount in enumerate(amounts)
        if not in_turn or number % len(amounts) == index
    ]


def play_sequence(tasks, sizes):
    """Each set goes to the first task with something left; what is beyond it does not count."""
    tasks, played = [list(task) for task in tasks], []
    for size in sizes:
        open_tasks = [task for task in tasks if task[2] > 0]
        if not open_tasks:
            break
        task = open_tasks[0]
        counted = min(size, task[2])
        task[2] = inf if isinf(task[2]) else task[2] - counted
        played.append((task[0], task[1], counted, task[2] > 0))
    return played


def play_swap(amounts, sizes):
    """A queue of items: who is not done after a set goes to the end of it."""
    queue, played = [[index, amount] for index, amount in enumerate(amounts)], []
    for size in sizes:
        if not queue:
            break
        index, left = queue.pop(0)
        counted = min(size, left)
        if left - counted > 0:
            queue.append([index, left - counted])
        played.append((0, index, counted, left - counted > 0))
    return played
