//go:build !unix

package regular

import "os"

func openAtOnce(path string) (*os.File, error) { return os.Open(path) }
