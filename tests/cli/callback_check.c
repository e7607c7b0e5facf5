/* SPDX-License-Identifier: MIT */
/*
 * Proves that the audio callback neither allocates nor locks nor enters the system. Loaded before
 * the program by LD_PRELOAD, it stands between the program and PortAudio, and while the callback
 * runs
 * - every allocation and every lock that goes through the C library is reported,
 * - the kernel hands every system call back to us instead of carrying it out (Linux: syscall user
 *   dispatch, Documentation/admin-guide/syscall-user-dispatch.rst), so none can hide.
 * Reports go to the file WINDPEAL_CHECK, "ran" among them after CALLS_TOLD callbacks.
 * WINDPEAL_PLANT=malloc, lock or syscall does the forbidden thing itself, to prove the proof.
 */
#include <dlfcn.h>
#include <fcntl.h>
#include <portaudio.h>
#include <pthread.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#ifndef PR_SET_SYSCALL_USER_DISPATCH
#define PR_SET_SYSCALL_USER_DISPATCH 59
#endif

enum { CALLS_TOLD = 50, DISPATCH_ON = 1, PASS = 0, CATCH = 1 };

/* The state of the thread that calls back; a preloaded library has nowhere else to keep it. */
static _Thread_local struct {
    bool is_inside;
    bool is_watched;
    volatile char selector; /* read by the kernel at every system call */
    int n_calls;
} here;

static struct {
    PaStreamCallback *callback;
    void *user;
} wrapped;

static void report(const char *what)
{
    const char selector = here.selector;
    here.selector = PASS;
    const char *path = getenv("WINDPEAL_CHECK");
    const int fd = path ? open(path, O_WRONLY | O_CREAT | O_APPEND, 0600) : -1;
    if (fd >= 0) {
        const ssize_t n = write(fd, what, strlen(what));
        (void)n;
        close(fd);
    }
    here.selector = selector;
}

/* Once is enough: afterwards the callback runs on unwatched. */
static void accuse(const char *what)
{
    here.is_inside = false;
    here.selector = PASS;
    report(what);
}

static void on_system_call(int signal_number, siginfo_t *info, void *context)
{
    (void)signal_number;
    (void)context;
    here.selector = PASS;
    char text[64];
    snprintf(text, sizeof text, "system call %d in the callback\n", info->si_syscall);
    accuse(text);
}

static void watch_this_thread(void)
{
    const struct sigaction action = {.sa_sigaction = on_system_call, .sa_flags = SA_SIGINFO};
    sigaction(SIGSYS, &action, NULL);
    here.is_watched = true;
    if (prctl(PR_SET_SYSCALL_USER_DISPATCH, DISPATCH_ON, 0, 0, &here.selector) != 0) {
        report("the kernel cannot watch system calls\n");
    }
}

/* Does what the callback must never do. */
static void plant(void)
{
    static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
    const char *what = getenv("WINDPEAL_PLANT");
    if (!what) {
        return;
    }
    if (strcmp(what, "malloc") == 0) {
        void *volatile block = malloc(16);
        free(block);
    } else if (strcmp(what, "lock") == 0) {
        pthread_mutex_lock(&lock);
        pthread_mutex_unlock(&lock);
    } else if (strcmp(what, "syscall") == 0) {
        syscall(SYS_getppid);
    }
}

static int call_back(const void *input, void *output, unsigned long n_frames,
                     const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags, void *user)
{
    (void)user;
    if (!here.is_watched) {
        watch_this_thread();
    }
    here.is_inside = true;
    here.selector = CATCH;
    plant();
    const int result = wrapped.callback(input, output, n_frames, time, flags, wrapped.user);
    here.selector = PASS;
    here.is_inside = false;
    if (++here.n_calls == CALLS_TOLD) {
        report("ran\n");
    }
    return result;
}

/* The real function behind one of ours. */
static void *real(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

/* PortAudio's parameters, for our function and for the real one. */
#define OPEN_STREAM_PARAMETERS                                                                     \
    PaStream **stream, const PaStreamParameters *input, const PaStreamParameters *output,          \
        double rate, unsigned long n_frames, PaStreamFlags flags, PaStreamCallback *callback,      \
        void *user

PaError Pa_OpenStream(OPEN_STREAM_PARAMETERS)
{
    PaError (*open_stream)(OPEN_STREAM_PARAMETERS);
    *(void **)&open_stream = real("Pa_OpenStream");
    wrapped.callback = callback;
    wrapped.user = user;
    return open_stream(stream, input, output, rate, n_frames, flags, call_back, NULL);
}

/* glibc's own names for the allocator, so that finding the real one needs no allocation. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *block, size_t size);
void __libc_free(void *block);

void *malloc(size_t size)
{
    if (here.is_inside) {
        accuse("malloc in the callback\n");
    }
    return __libc_malloc(size);
}

void *calloc(size_t n, size_t size)
{
    if (here.is_inside) {
        accuse("calloc in the callback\n");
    }
    return __libc_calloc(n, size);
}

void *realloc(void *block, size_t size)
{
    if (here.is_inside) {
        accuse("realloc in the callback\n");
    }
    return __libc_realloc(block, size);
}

void free(void *block)
{
    if (here.is_inside && block) {
        accuse("free in the callback\n");
    }
    __libc_free(block);
}

int pthread_mutex_lock(pthread_mutex_t *mutex)
{
    typedef int function(pthread_mutex_t *);
    function *lock;
    if (here.is_inside) {
        accuse("lock in the callback\n");
    }
    *(void **)&lock = real("pthread_mutex_lock");
    return lock(mutex);
}
