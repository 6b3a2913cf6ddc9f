package chat_test

import (
	"strings"
	"testing"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

func formed(inv chat.Invocation) chat.Invocation { inv.Forms = true; return inv }

func openForm(t *testing.T, b bench, inv chat.Invocation) *chat.OpenForm {
	t.Helper()
	ans := b.Do(t.Context(), inv)
	if ans.Form == nil || !ans.Private || ans.Reply != nil {
		t.Fatalf("%s%s: got %+v, want a form", inv.Line, inv.Press, ans)
	}
	return ans.Form
}

func sent(inv chat.Invocation, id string, filled map[string]string) chat.Invocation {
	inv.Press, inv.Filled = id, filled
	return inv
}

func TestFormOpensWhereItCanBeShown(t *testing.T) {
	b := newBench(t, chat.Rate{})
	f := openForm(t, b, formed(line(ada(), "/thing add")))
	if f.Title != "A new thing" || len(f.Fields) != 2 || f.Fields[0].Name != "name" || !f.Fields[1].Long {
		t.Errorf("form %+v", f)
	}
	// With an option it is a call, and where no form can be shown too.
	b.answered(t, formed(line(ada(), "/thing add name:arch")))
	b.answered(t, line(ada(), "/thing add"))
	// A sub without forms has none to open.
	b.refused(t, formed(line(ada(), "/word")), fault.MissingOption)
}

func TestFormSentIn(t *testing.T) {
	b := newBench(t, chat.Rate{})
	f := openForm(t, b, formed(line(ada(), "/thing add")))
	r := b.answered(t, sent(formed(ada()), f.ID, map[string]string{"name": "arch", "notes": "two\nlines"})).Reply
	if len(r.Facts) != 2 || r.Facts[0].Value != "arch|0|0|false|{0 0 0}" || !strings.HasPrefix(r.Facts[1].Value.(string), "two\nlines|") {
		t.Errorf("read %+v", r.Facts)
	}
	// Emptied fields are as if not given, and no second form answers the first.
	r = b.answered(t, sent(formed(ada()), f.ID, map[string]string{"name": "  ", "notes": ""})).Reply
	if len(r.Facts) != 0 {
		t.Errorf("an empty form was read as %+v", r.Facts)
	}
	b.refused(t, sent(formed(ada()), f.ID, map[string]string{"nmae": "x"}), fault.UnknownOption)
	b.refused(t, sent(formed(ada()), f.ID, map[string]string{"name": strings.Repeat("n", 21)}), fault.LimitReached)
}

func TestFormByButtonIsFilledAndKeepsItsLine(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, line(ada(), "/word word:pull"))
	f := openForm(t, b, pressed(ada(), "1fmore.1./thing add name:arch"))
	if f.Title != "More" || len(f.Fields) != 1 || f.Fields[0].Value != "as arch" {
		t.Errorf("form %+v", f)
	}
	r := b.answered(t, sent(ada(), f.ID, map[string]string{"material": "wax"})).Reply
	if len(r.Facts) != 2 || r.Facts[1].Key != "name" {
		t.Errorf("read %+v, want the line's name and the form's material", r.Facts)
	}
}

// A form that opens from a button alone leaves the bare call to run.
func TestPressedFormWaitsForItsButton(t *testing.T) {
	b := newBench(t, chat.Rate{})
	b.answered(t, formed(line(ada(), "/thing close")))
	if f := b.Foresee(t.Context(), formed(line(ada(), "/thing close"))); f.Form {
		t.Error("a form is foreseen for a bare call")
	}
	if f := openForm(t, b, pressed(ada(), "1fwhy.1./thing close")); f.Title != "Why?" {
		t.Errorf("form %+v", f)
	}
}
