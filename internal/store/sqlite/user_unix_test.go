//go:build unix

package sqlite_test

import "syscall"

// dropRoot makes the process one of "nobody", whom file permissions bind.
func dropRoot() error { return syscall.Setuid(65534) }
