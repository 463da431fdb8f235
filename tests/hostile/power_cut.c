/* A disk that forgets: what was not synced is gone when the power is cut.
 *
 * Preloaded into a process (LD_PRELOAD). Below $CUT_HOME a call of fsync or fdatasync copies the file as it is
 * then to $CUT_KEPT/file-INODE; of a folder, its names with their inodes to $CUT_KEPT/names-INODE. A test puts
 * together from these what a disk would hold after a cut: POSIX promises no more (fsync, open, rename in
 * IEEE Std 1003.1-2017). Inodes are not used again on a tmpfs, where the home has to lie.
 */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

static int below_home(int fd) {
    const char *home = getenv("CUT_HOME");
    char link[64], path[PATH_MAX];
    if (home == NULL || getenv("CUT_KEPT") == NULL) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0) return 0;
    path[length] = 0;
    return strncmp(path, home, strlen(home)) == 0;
}

static int put_in_place(const char *fresh, const char *what, ino_t inode) {
    char place[PATH_MAX];
    snprintf(place, sizeof place, "%s/%s-%lu", getenv("CUT_KEPT"), what, (unsigned long)inode);
    return rename(fresh, place);
}

static int open_fresh(char *fresh, size_t room) {
    snprintf(fresh, room, "%s/fresh-%d-%lu", getenv("CUT_KEPT"), getpid(), (unsigned long)pthread_self());
    return open(fresh, O_WRONLY | O_CREAT | O_TRUNC, 0600);
}

static int keep_file(int fd, ino_t inode) {
    char fresh[PATH_MAX], block[65536];
    int out = open_fresh(fresh, sizeof fresh);
    if (out < 0) return -1;
    off_t at = 0;
    ssize_t got;
    char own[64];
    snprintf(own, sizeof own, "/proc/self/fd/%d", fd);
    int writes_only = (fcntl(fd, F_GETFL) & O_ACCMODE) == O_WRONLY;
    /* a second descriptor only where there is no other way: closing it would drop the locks of SQLite */
    int in = writes_only ? open(own, O_RDONLY) : fd;
    if (in < 0) { close(out); return -1; }
    while ((got = pread(in, block, sizeof block, at)) > 0) {
        if (write(out, block, (size_t)got) != got) { if (writes_only) close(in); close(out); return -1; }
        at += got;
    }
    if (writes_only) close(in);
    close(out);
    return put_in_place(fresh, "file", inode);
}

static int keep_names(int fd, ino_t inode) {
    char fresh[PATH_MAX], own[64];
    snprintf(own, sizeof own, "/proc/self/fd/%d", fd);
    DIR *folder = opendir(own);
    if (folder == NULL) return -1;
    int out = open_fresh(fresh, sizeof fresh);
    if (out < 0) { closedir(folder); return -1; }
    struct dirent *one;
    while ((one = readdir(folder)) != NULL)
        if (strcmp(one->d_name, ".") != 0 && strcmp(one->d_name, "..") != 0)
            dprintf(out, "%lu %d %s\n", (unsigned long)one->d_ino, one->d_type == DT_DIR, one->d_name);
    closedir(folder);
    close(out);
    return put_in_place(fresh, "names", inode);
}

static int keep(int fd) {
    struct stat about;
    if (!below_home(fd) || fstat(fd, &about) != 0) return 0;
    pthread_mutex_lock(&lock);
    int done = S_ISDIR(about.st_mode) ? keep_names(fd, about.st_ino) : keep_file(fd, about.st_ino);
    pthread_mutex_unlock(&lock);
    if (done != 0) errno = EIO;
    return done;
}

int fsync(int fd) { return keep(fd); }
int fdatasync(int fd) { return keep(fd); }
