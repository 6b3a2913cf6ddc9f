//go:build unix

package config

import (
	"io/fs"
	"os"
	"syscall"
)

// checkOwner wants the file to be the user's own. Whoever owns a file can
// change its mode and its content at any time.
func checkOwner(info fs.FileInfo) error {
	if st, ok := info.Sys().(*syscall.Stat_t); ok && int(st.Uid) != os.Geteuid() {
		return errOtherOwner
	}
	return nil
}
