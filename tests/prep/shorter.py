"""Asks HiGHS whether stints can be done in less time than the search says.

Reads a JSON list of stints (jobs with active, passive, needs, after, at_once; capacity; less: the
length asked for) and prints a JSON list: true where there is a timetable that short. One binary for
each job and start: nothing here knows orders, heads or tails.
"""
import json
import sys

import highspy


def possible(stint):
    less = stint["less"]
    jobs = stint["jobs"]
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    starts = []
    for job in jobs:
        whole = job["active"] + job["passive"]
        watched = whole if job["needs"] else job["active"]
        choices = {t: solver.addBinary() for t in range(0, less - watched + 1)}
        if not choices:
            return False
        starts.append(choices)
        solver.addConstr(solver.qsum(list(choices.values())) == 1)

    def under_way(at, lasts, minute):
        return [x for t, x in starts[at].items() if t <= minute < t + lasts]

    for minute in range(less):
        busy = [x for at, job in enumerate(jobs) for x in under_way(at, job["active"], minute)]
        if len(busy) > 1:
            solver.addConstr(solver.qsum(busy) <= 1)
        for kind, there in enumerate(stint["capacity"]):
            held = [
                count * x
                for at, job in enumerate(jobs)
                for of, count in job["needs"]
                if of == kind
                for x in under_way(at, job["active"] + job["passive"], minute)
            ]
            if held:
                solver.addConstr(solver.qsum(held) <= there)
    when = [solver.qsum([t * x for t, x in choices.items() if t > 0]) for choices in starts]
    for at, job in enumerate(jobs):
        for before in job["after"]:
            lasts = jobs[before]["active"] + jobs[before]["passive"]
            solver.addConstr(when[at] - when[before] >= lasts)
        if job["at_once"] is not None:
            lasts = jobs[job["at_once"]]["active"] + jobs[job["at_once"]]["passive"]
            solver.addConstr(when[at] - when[job["at_once"]] == lasts)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return False
    assert status == highspy.HighsModelStatus.kOptimal, status
    return True


with open(sys.argv[1], encoding="utf-8") as file:
    answers = [possible(stint) for stint in json.load(file)]
print("\n" + json.dumps(answers))
