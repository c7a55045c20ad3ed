/* loader.c -- programs flash from RAM, for a probe that is slow.
 *
 * It knows no part: the job says which registers the controller has. Keys,
 * busy times and refusals are the controller's; a refusal ends the job.
 */
#include "job.h"
#include "registers.h"

void loader_work(struct loader_job *job);

static void order(struct loader_job *job)
{
  if (job->refused_mask != 0) store(job->refused_register, job->refused_mask);
  store(job->order_register, job->order_word);
  while ((load(job->busy_register) & job->busy_mask) != 0)
    continue;
  if ((load(job->refused_register) & job->refused_mask) != 0) job->refused = 1;
}

static void program(struct loader_job *job)
{
  const uint32_t *word = job->page;
  while (job->done < job->bytes && job->refused == 0) {
    for (uint32_t i = 0; i < job->unit_words; i++)
      store(job->data_registers[i], *word++);
    store(job->target_register, job->at + job->done);
    order(job);
    if (job->refused == 0) job->done += job->unit_words * 4;
  }
}

void loader_work(struct loader_job *job)
{
  job->refused = 0;
  job->done = 0;
  switch (job->work) {
  case JOB_UNLOCK:
    for (uint32_t i = 0; i < job->key_count; i++)
      store(job->key_register, job->keys[i]);
    break;
  case JOB_ORDER:
    if (job->target_register != 0) store(job->target_register, job->at);
    order(job);
    break;
  case JOB_PROGRAM: program(job); break;
  default: break;
  }
}
