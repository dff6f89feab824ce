"""Plans followed with a made-up solver in place of their jobs."""

from castlab.plan import Batch, follow


def followed(plan, solver):
    """(the plan's answer, the arguments of all jobs that it asked for); `solver` takes those of one job."""
    asked = []

    def answers_of(batch):
        assert isinstance(batch, Batch) and batch.jobs
        asked.extend(job.args for job in batch.jobs)
        return [solver(*job.args) for job in batch.jobs]

    return follow(plan, answers_of), asked
