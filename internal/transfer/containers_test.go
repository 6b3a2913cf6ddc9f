package transfer_test

import (
	"testing"

	"github.com/pourwright/pourwright/internal/transfer"
)

// Two jugs alike are two, one that is there already is not added again, and
// what makes no sense is refused.
func TestContainers(t *testing.T) {
	w := emptied(t)
	const rows = "material,part,a_g,left_a_g,opened,finished\nwhite,A,610,600,2026-10-20,\nwhite,A,610,600,2026-10-20,\nwhite,a,500,0,,yes\n"
	if got := w.imported(t, w.ada, []byte(rows), transfer.Containers, transfer.Choice{}).Parts[0].Done.Added; got != 3 {
		t.Errorf("added %d", got)
	}
	if done := w.imported(t, w.ada, []byte(rows), transfer.Containers, transfer.Choice{}).Parts[0].Done; done.Added != 0 || done.Kept != 3 {
		t.Errorf("the same again: %+v", done)
	}
	all, err := w.Containers(w.ctx, w.ada)
	if err != nil || len(all) != 3 || all[0].LeftAll() != 600 || all[2].LeftAll() != 0 || all[2].Finished.IsZero() || all[1].MaterialID != 0 {
		t.Errorf("%+v, %v", all, err)
	}
	made := w.exported(t, w.ada, transfer.CSV, transfer.Containers)
	w.imported(t, w.zoe, made[0].Data, transfer.Containers, transfer.Choice{})
	if again := w.exported(t, w.zoe, transfer.CSV, transfer.Containers); string(again[0].Data) != string(made[0].Data) {
		t.Errorf("came back as\n%s\nwas\n%s", again[0].Data, made[0].Data)
	}
	rep := w.looked(t, w.ada, "material,part,a_g,b_g,left_a_g,bought,opened\n,A,1,,,,\nwhite,C,1,,,,\nwhite,A,,,,,\nwhite,A,1,2,,,\nwhite,B,1,2,,,\nwhite,A,-1,,,,\nwhite,A,5,,,2026-11-02,2026-11-01\nwhite,A,5,,,,\n", transfer.Containers)
	if refused := rep.Count(transfer.Refused); refused != 7 || rep.Count(transfer.Fresh) != 1 {
		t.Errorf("%d refused: %+v", refused, rep.Parts)
	}
}
