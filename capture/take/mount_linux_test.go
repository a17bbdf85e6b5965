package take

import "syscall"

// mountSmall mounts a file system of 12 MB.
func mountSmall(dir string) error { return syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=12m") }
