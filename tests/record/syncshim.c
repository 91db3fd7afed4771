/* Writes down what a program asks of the system about files below one folder, so that afterwards the disk can be made
 * as a power cut would have left it: only what was synced.
 *
 *     cc -shared -fPIC -O1 -o syncshim.so syncshim.c -ldl
 *     SHIM_FOLDER=<folder> SHIM_LOG=<file> LD_PRELOAD=<path>/syncshim.so python ...
 *
 * The log is a row of records, in the order in which the calls returned. A record: a letter, the length of the path, a
 * position, the length of the data (four little-endian numbers of eight bytes, the letter as one of them), the path, the
 * data. The letters: O made or opened for writing, W written at a position, T cut to a length, S synced, D a folder
 * synced, U unlinked, R renamed (the data is the new path), L linked, A something written to descriptor 1, or with
 * SHIM_SENDS=1 sent on a socket: what the program acknowledged. A call that failed is not written down.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>
#include <pthread.h>

static int log_handle = -1, sends;
static char folder[PATH_MAX];
static pthread_mutex_t order = PTHREAD_MUTEX_INITIALIZER;

__attribute__((constructor)) static void begin(void) {
    const char *name = getenv("SHIM_FOLDER"), *log = getenv("SHIM_LOG");
    if (!name || !log) return;
    snprintf(folder, sizeof folder, "%s", name);
    sends = getenv("SHIM_SENDS") != 0;
    log_handle = syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

static void record(char letter, const char *path, uint64_t position, const void *data, uint64_t size) {
    if (log_handle < 0) return;
    uint64_t head[4] = {(uint64_t)letter, strlen(path), position, size};
    struct iovec parts[3] = {{head, sizeof head}, {(void *)path, head[1]}, {(void *)data, size}};
    syscall(SYS_writev, log_handle, parts, 3);
}

/* The path of a descriptor below the folder, or 0. */
static int below(int handle, char *path) {
    char link[64];
    if (log_handle < 0 || handle == log_handle) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", handle);
    ssize_t size = readlink(link, path, PATH_MAX - 1);
    if (size < 0) return 0;
    path[size] = 0;
    return !strncmp(path, folder, strlen(folder));
}

static int below_name(const char *name, char *path) {
    if (log_handle < 0) return 0;
    if (name[0] == '/') snprintf(path, PATH_MAX, "%s", name);
    else {
        char here[PATH_MAX];
        if (!getcwd(here, sizeof here)) return 0;
        if (snprintf(path, PATH_MAX, "%s/%s", here, name) >= PATH_MAX) return 0;
    }
    return !strncmp(path, folder, strlen(folder));
}

#define REAL(name) \
    static __typeof__(name) *real; \
    if (!real) real = (__typeof__(name) *)dlsym(RTLD_NEXT, #name)
#define TOGETHER(act) \
    pthread_mutex_lock(&order); \
    act; \
    { int kept_errno = errno;
#define APART \
    errno = kept_errno; } \
    pthread_mutex_unlock(&order)

static void noted_write(int handle, const void *data, ssize_t done, off_t at) {
    char path[PATH_MAX];
    if (done <= 0) return;
    if (handle == 1) record('A', "", 0, data, done);
    else if (below(handle, path)) record('W', path, at, data, done);
}

ssize_t write(int handle, const void *data, size_t size) {
    REAL(write);
    ssize_t done;
    struct stat told;
    int adding = (fcntl(handle, F_GETFL) & O_APPEND) && !fstat(handle, &told);
    off_t at = adding ? told.st_size : lseek(handle, 0, SEEK_CUR);
    TOGETHER(done = real(handle, data, size));
    noted_write(handle, data, done, at);
    APART;
    return done;
}

ssize_t send(int handle, const void *data, size_t size, int flags) {
    REAL(send);
    ssize_t done;
    TOGETHER(done = real(handle, data, size, flags));
    if (sends && done > 0) record('A', "", 0, data, done);
    APART;
    return done;
}

#define PWRITE(name, kind) \
    ssize_t name(int handle, const void *data, size_t size, kind at) { \
        REAL(name); \
        ssize_t done; \
        TOGETHER(done = real(handle, data, size, at)); \
        noted_write(handle, data, done, at); \
        APART; \
        return done; \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define SYNC(name) \
    int name(int handle) { \
        REAL(name); \
        int done; \
        char path[PATH_MAX]; \
        struct stat told; \
        TOGETHER(done = real(handle)); \
        if (!done && below(handle, path) && !fstat(handle, &told)) \
            record(S_ISDIR(told.st_mode) ? 'D' : 'S', path, 0, "", 0); \
        APART; \
        return done; \
    }
SYNC(fsync)
SYNC(fdatasync)

#define CUT(name, kind) \
    int name(int handle, kind size) { \
        REAL(name); \
        int done; \
        char path[PATH_MAX]; \
        TOGETHER(done = real(handle, size)); \
        if (!done && below(handle, path)) record('T', path, size, "", 0); \
        APART; \
        return done; \
    }
CUT(ftruncate, off_t)
CUT(ftruncate64, off64_t)

static void noted_open(int handle, int flags) {
    char path[PATH_MAX];
    struct stat told;
    if (handle >= 0 && (flags & (O_WRONLY | O_RDWR)) && below(handle, path) && !fstat(handle, &told))
        record('O', path, flags & O_TRUNC ? 1 : 0, "", 0);
}

#define OPEN(name) \
    int name(const char *path, int flags, ...) { \
        REAL(name); \
        va_list more; \
        va_start(more, flags); \
        int mode = va_arg(more, int); \
        va_end(more); \
        int done; \
        TOGETHER(done = real(path, flags, mode)); \
        noted_open(done, flags); \
        APART; \
        return done; \
    }
OPEN(open)
OPEN(open64)

#define OPENAT(name) \
    int name(int base, const char *path, int flags, ...) { \
        REAL(name); \
        va_list more; \
        va_start(more, flags); \
        int mode = va_arg(more, int); \
        va_end(more); \
        int done; \
        TOGETHER(done = real(base, path, flags, mode)); \
        noted_open(done, flags); \
        APART; \
        return done; \
    }
OPENAT(openat)
OPENAT(openat64)

int unlink(const char *name) {
    REAL(unlink);
    int done;
    char path[PATH_MAX];
    TOGETHER(done = real(name));
    if (!done && below_name(name, path)) record('U', path, 0, "", 0);
    APART;
    return done;
}

#define TWO(name, letter) \
    int name(const char *old, const char *new) { \
        REAL(name); \
        int done; \
        char from[PATH_MAX], to[PATH_MAX]; \
        TOGETHER(done = real(old, new)); \
        if (!done && below_name(old, from) && below_name(new, to)) record(letter, from, 0, to, strlen(to)); \
        APART; \
        return done; \
    }
TWO(rename, 'R')
TWO(link, 'L')
