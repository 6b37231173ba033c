package wholefile

import (
	"errors"
	"io/fs"
	"os"

	"fillwright/internal/wrongfile"
)

// textMost is far more than any profile, offsets or model has.
const textMost = 1 << 20

// Read reads a small text file. The error is a *wrongfile.Error; missing says
// what to do where there is no such file.
func Read(path, missing string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &wrongfile.Error{File: path, What: "there is no such file", Do: missing}
	case err != nil:
	case info.IsDir():
		return nil, &wrongfile.Error{File: path, What: "is a folder", Do: "name a file in it"}
	case info.Size() > textMost:
		return nil, &wrongfile.Error{File: path, What: "is far too large for this kind of file", Do: "check the name"}
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(path)
	}
	if err != nil {
		return nil, &wrongfile.Error{File: path, What: "can't be read", Do: "check the folder and who may read there", Err: err}
	}
	return data, nil
}
