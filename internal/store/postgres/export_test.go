package postgres

import "database/sql"

// Translate is what the store gets for an error of the driver.
var Translate = translate

// KindOf is what is counted of it.
var KindOf = kindOf

// LockSpace and LockWrites are the lock that a write holds.
const (
	LockSpace  = lockSpace
	LockWrites = lockWrites
)

// Raw is the writer's connection, to look at what is stored.
func (db *DB) Raw() *sql.DB { return db.eng.Writer }

// RawReader is the readers' pool.
func (db *DB) RawReader() *sql.DB { return db.eng.Reader }
