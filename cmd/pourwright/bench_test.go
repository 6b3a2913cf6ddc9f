package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/discord/fake"
)

// BenchmarkAskBatch is a whole process, from its start to its end, that
// answers a batch from a database that is there.
func BenchmarkAskBatch(b *testing.B) {
	db := filepath.Join(b.TempDir(), "shop.db")
	ask := func(line string) *exec.Cmd {
		c := exec.Command("pourwright", "ask", "--json", "--db", db, line)
		c.Dir = b.TempDir()
		return c
	}
	add := ask(`/material add name:"bench white" family:urethane ratio:"1:1 vol" density_a:"1.10, 1.02" pot_life:"3 min, 100 g, 23 C"`)
	if out, err := add.CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for b.Loop() {
		out, err := ask(`/batch material:"bench white" volume:"250 ml"`).CombinedOutput()
		if err != nil || !strings.Contains(string(out), `"ok":true`) {
			b.Fatalf("%v: %s", err, out)
		}
	}
}

// BenchmarkServeIdle reports the memory of a serving process that is connected
// and has nothing to do.
func BenchmarkServeIdle(b *testing.B) {
	for b.Loop() {
		b.ReportMetric(serveIdle(b), "MB-resident")
	}
}

func serveIdle(b *testing.B) float64 {
	service := patientService(b)
	defer service.Close()
	c := exec.Command("pourwright", "serve", "--db", filepath.Join(b.TempDir(), "shop.db"))
	c.Env = append(os.Environ(), "POURWRIGHT_TOKEN="+fake.Token, "POURWRIGHT_API_BASE="+service.APIBase())
	if err := c.Start(); err != nil {
		b.Fatal(err)
	}
	if !service.AwaitReady(1) {
		b.Error("no session")
	}
	mb := resident(b, c.Process.Pid)
	if err := c.Process.Signal(os.Interrupt); err != nil {
		b.Error(err)
	}
	if err := c.Wait(); err != nil {
		b.Error(err)
	}
	return mb
}

// resident reads a process's resident memory in MB of 10⁶ bytes.
func resident(b *testing.B, pid int) float64 {
	f, err := os.Open(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		b.Skipf("no account of processes here: %v", err)
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var kb float64
		if _, err := fmt.Sscanf(lines.Text(), "VmRSS: %f kB", &kb); err == nil {
			return kb * 1024 / 1e6
		}
	}
	b.Fatal("the account of the process has no VmRSS")
	return 0
}
