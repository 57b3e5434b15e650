package shadebook

import "errors"

// The kinds of error that callers tell apart with errors.Is.
var (
	ErrNoRecord    = errors.New("no such record")
	ErrNameTaken   = errors.New("name taken")
	ErrRefused     = errors.New("record refused")             // a field holds what it must not
	ErrStored      = errors.New("photo already stored")       // same photo, same batch or loose colour
	ErrDecided     = errors.New("batch decided")              // approved or rejected, and not reopened
	ErrMoved       = errors.New("batch has moved")            // since the one who decides has seen it
	ErrUnsure      = errors.New("stored or not is unknown")   // the server left while it was storing
	ErrNoBook      = errors.New("no shade book")              // no such file, or a database without tables
	ErrNotBook     = errors.New("not a shade book")           // another kind of file or database
	ErrNewer       = errors.New("shade book too new")         // of a later version of the program
	ErrDamaged     = errors.New("shade book damaged")         // the file is corrupt
	ErrReadOnly    = errors.New("shade book is read-only")    // the file, its folder or the server's role
	ErrFull        = errors.New("disk full")                  // or a quota, or a limit on file size
	ErrBusy        = errors.New("shade book is busy")         // another program keeps it locked
	ErrUnreachable = errors.New("shade book not reachable")   // no such server or folder, or it went away
	ErrLogin       = errors.New("shade book login refused")   // wrong name or password
	ErrNotEmpty    = errors.New("shade book holds records")   // import wants an empty one
	ErrExport      = errors.New("export file not understood") // or incomplete
)
