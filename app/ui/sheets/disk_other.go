//go:build !unix

package sheets

// freeBytes is not known here.
func freeBytes(string) (int64, bool) { return 0, false }
