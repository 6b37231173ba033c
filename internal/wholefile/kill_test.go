package wholefile

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"fillwright/internal/must"
)

const childFile = "FILLWRIGHT_WHOLEFILE_CHILD"

func TestMain(m *testing.M) {
	if file := os.Getenv(childFile); file != "" {
		os.Exit(child(file))
	}
	os.Exit(m.Run())
}

// writing is a file's text number n: 200 kB of one letter, so that a mixture
// of two, or a part of one, would show.
func writing(n int) []byte { return bytes.Repeat([]byte{byte('a' + n%26)}, 200_000) }

// child replaces a file again and again until it is killed.
func child(file string) int {
	for n := 0; n < 1_000_000; n++ {
		if err := Replace(file, writing(n)); err != nil {
			fmt.Println(err)
			return 1
		}
		if n == 0 {
			fmt.Println("writing")
		}
	}
	return 0
}

// Killed (SIGKILL) at any moment, the writer leaves the old or the new file,
// whole.
func TestKilledWhileWriting(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a")
	for i := range 40 {
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childFile+"="+file)
		out := must.Get(cmd.StdoutPipe())(t)
		must.Do(t, cmd.Start())
		said := make([]byte, 100)
		n, _ := out.Read(said)
		must.Need(t, string(said[:n]) == "writing\n", "the child said %q", said[:n])
		time.Sleep(time.Duration(i*137) * time.Microsecond) // another moment each time
		must.Do(t, cmd.Process.Kill())
		if err := cmd.Wait(); err == nil {
			t.Fatal("the child ended by itself")
		}
		text, err := os.ReadFile(file)
		must.Need(t, err == nil && len(text) != 0 && bytes.Equal(text, writing(int(text[0]-'a'))), "kill %d left %d bytes, %v", i, len(text), err)
	}
}
