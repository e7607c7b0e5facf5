/* SPDX-License-Identifier: MIT */
/* Shares a handful of tasks out among threads. */
#include "app/crew.h"

#include <signal.h>
#include <unistd.h>

size_t app_threads(const struct app_arguments *arguments)
{
    const long n_cores = sysconf(_SC_NPROCESSORS_ONLN);
    if (arguments->is_given[APP_THREADS]) {
        return (size_t)arguments->whole[APP_THREADS];
    }
    return n_cores > 0 ? (size_t)n_cores : 1;
}

/* Does the next task, with the lock open meanwhile; false when all are taken. */
static bool do_next(struct app_crew *crew)
{
    if (crew->next == crew->n_tasks) {
        return false;
    }
    const size_t task = crew->next++;
    pthread_mutex_unlock(&crew->lock);
    crew->run(crew->context, task);
    pthread_mutex_lock(&crew->lock);
    if (--crew->n_left == 0) {
        pthread_cond_signal(&crew->is_done);
    }
    return true;
}

static void *work(void *argument)
{
    struct app_crew *crew = argument;
    pthread_mutex_lock(&crew->lock);
    while (!crew->is_ending) {
        if (!do_next(crew)) {
            pthread_cond_wait(&crew->is_work, &crew->lock);
        }
    }
    pthread_mutex_unlock(&crew->lock);
    return NULL;
}

/* Signals are for the thread that leads. */
void app_crew_start(struct app_crew *crew, size_t n_threads)
{
    sigset_t all;
    sigset_t former;
    *crew = (struct app_crew){.n_threads = 0};
    pthread_mutex_init(&crew->lock, NULL);
    pthread_cond_init(&crew->is_work, NULL);
    pthread_cond_init(&crew->is_done, NULL);
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &former);
    while (crew->n_threads < n_threads && crew->n_threads < APP_CREW_MAX &&
           pthread_create(&crew->threads[crew->n_threads], NULL, work, crew) == 0) {
        crew->n_threads++;
    }
    pthread_sigmask(SIG_SETMASK, &former, NULL);
}

void app_crew_hand_out(struct app_crew *crew, app_crew_task *run, void *context, size_t n_tasks)
{
    pthread_mutex_lock(&crew->lock);
    crew->run = run;
    crew->context = context;
    crew->n_tasks = n_tasks;
    crew->next = 0;
    crew->n_left = n_tasks;
    if (crew->n_threads > 0) {
        pthread_cond_broadcast(&crew->is_work);
    }
    pthread_mutex_unlock(&crew->lock);
}

void app_crew_complete(struct app_crew *crew)
{
    pthread_mutex_lock(&crew->lock);
    while (do_next(crew)) {
    }
    while (crew->n_left > 0) {
        pthread_cond_wait(&crew->is_done, &crew->lock);
    }
    pthread_mutex_unlock(&crew->lock);
}

void app_crew_finish(struct app_crew *crew)
{
    app_crew_complete(crew);
    pthread_mutex_lock(&crew->lock);
    crew->is_ending = true;
    pthread_cond_broadcast(&crew->is_work);
    pthread_mutex_unlock(&crew->lock);
    for (size_t i = 0; i < crew->n_threads; i++) {
        pthread_join(crew->threads[i], NULL);
    }
    pthread_cond_destroy(&crew->is_done);
    pthread_cond_destroy(&crew->is_work);
    pthread_mutex_destroy(&crew->lock);
}
