package sqlite_test

func victim() bool { return false }
