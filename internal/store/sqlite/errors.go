package sqlite

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	driver "github.com/mattn/go-sqlite3"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/store"
)

// again is what a member can do while whoever runs the program mends it.
const again = "nothing was written; tell whoever runs this bot, and try again later"

// translate turns a driver's error into a fault, by its extended code and
// never by its text, or gives it back as it is. The words are for a member:
// they hold no path.
func translate(err error) error {
	var e driver.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.ExtendedCode {
	case driver.ErrConstraintUnique, driver.ErrConstraintPrimaryKey, driver.ErrConstraintRowID:
		return fmt.Errorf("%w: %w", store.ErrUnique, err)
	case driver.ErrConstraintForeignKey:
		return fmt.Errorf("%w: %w", store.ErrForeign, err)
	}
	var f *fault.Error
	switch e.Code {
	case driver.ErrBusy, driver.ErrLocked:
		f = fault.New(fault.Busy, "the records are busy with another write").Hint("nothing was written; try again in a moment")
	case driver.ErrFull:
		f = fault.New(fault.Unavailable, "the disk that holds the records is full").Hint(again)
	case driver.ErrReadonly, driver.ErrPerm, driver.ErrAuth:
		f = fault.New(fault.Unavailable, "the records can be read but not written").Hint(again)
	case driver.ErrCorrupt:
		f = fault.New(fault.Unavailable, "the file that holds the records is damaged").Hint(again)
	case driver.ErrNotADB:
		f = fault.New(fault.Unavailable, "the file that should hold the records is not a database").Hint(again)
	case driver.ErrCantOpen:
		f = fault.New(fault.Unavailable, "the file that holds the records can't be opened").Hint(again)
	case driver.ErrIoErr, driver.ErrProtocol, driver.ErrNoLFS:
		f = fault.New(fault.Unavailable, "the disk that holds the records does not answer as it should").Hint(again)
	case driver.ErrNomem:
		f = fault.New(fault.Unavailable, "the machine is out of memory").Hint(again)
	default:
		return err
	}
	return f.Because(err)
}

// kindOf names a driver's error for whoever counts them.
func kindOf(err error) string {
	var e driver.Error
	if !errors.As(err, &e) {
		return "other"
	}
	switch e.ExtendedCode {
	case driver.ErrConstraintForeignKey:
		return "gone"
	}
	switch e.Code {
	case driver.ErrBusy, driver.ErrLocked:
		return "busy"
	case driver.ErrFull:
		return "full"
	case driver.ErrReadonly, driver.ErrPerm, driver.ErrAuth:
		return "read_only"
	case driver.ErrCorrupt:
		return "corrupt"
	case driver.ErrNotADB:
		return "no_database"
	case driver.ErrCantOpen:
		return "cannot_open"
	case driver.ErrIoErr, driver.ErrProtocol, driver.ErrNoLFS:
		return "io"
	case driver.ErrNomem:
		return "memory"
	case driver.ErrConstraint:
		return "constraint"
	}
	return "other"
}

// fromCode reports whether err is the driver's, of one of these codes.
func fromCode(err error, codes ...driver.ErrNo) bool {
	var e driver.Error
	return errors.As(err, &e) && slices.Contains(codes, e.Code)
}

// openFault is an error of opening in words for whoever runs the program: what
// is wrong with which file, and what to do.
func openFault(path string, err error) error {
	f := fault.As(err)
	if f == nil {
		return fileFault(path, err)
	}
	var e driver.Error
	hint := f.HintText()
	if errors.As(err, &e) {
		hint = remedy(e.Code)
	}
	return fault.New(f.Code, "can't open the database %s: %s", path, f.Message).Hint("%s", hint).Because(f.Unwrap())
}

// fileFault is about an error of the file system.
func fileFault(path string, err error) error {
	f := fault.New(fault.Unavailable, "can't open the database %s", path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.Hint("the folder is not there; make it, or name another")
	case errors.Is(err, fs.ErrPermission):
		f.Hint("give this user leave to read and write the file and its folder")
	default:
		f.Hint("look at the log, and run doctor")
	}
	return f.Because(err)
}

// remedy is what whoever runs the program can do.
func remedy(code driver.ErrNo) string {
	switch code {
	case driver.ErrBusy, driver.ErrLocked:
		return "another program holds it; end that one, or wait until it is done"
	case driver.ErrFull:
		return "make room on its disk"
	case driver.ErrReadonly, driver.ErrPerm, driver.ErrAuth, driver.ErrCantOpen:
		return "give this user leave to read and write the file and its folder"
	case driver.ErrCorrupt, driver.ErrNotADB:
		return "restore a backup with restore FILE; the damaged file is kept beside"
	}
	return "check the disk and the log, and run doctor"
}
