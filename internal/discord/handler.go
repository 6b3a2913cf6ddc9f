package discord

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
)

const (
	// answerIn is how long the service waits for the first answer.
	answerIn = 3 * time.Second
	// answerWithin bounds one answer; its token lives for 15 min.
	answerWithin = time.Minute
)

// patience holds the times of one interaction, counted from when it came; tests
// that are not about them stretch them.
type patience struct {
	// foresee is when it must be known what is to come.
	foresee time.Duration
	// announce is when an answer that is not there yet is announced.
	announce time.Duration
	// form is the same for a form, which can't be announced, so its making may
	// take longer.
	form time.Duration
	// answer is when a first answer must be on its way.
	answer time.Duration
	// old is the age at which an interaction that waited for a worker is given
	// up: its token dies before an answer could arrive.
	old time.Duration
	// yield is how long the second of two deliveries leaves the answer to the
	// first.
	yield time.Duration
	// complete bounds a completion.
	complete time.Duration
}

// patienceFor fits in the time that the service waits for the first answer. An
// announcement comes as soon whatever that is, and before a second delivery has
// yielded for long enough.
func patienceFor(service time.Duration) patience {
	of := func(d time.Duration) time.Duration {
		return time.Duration(float64(d) * (float64(service) / float64(answerIn)))
	}
	return patience{
		foresee: of(2 * time.Second), announce: 800 * time.Millisecond, form: of(2500 * time.Millisecond), answer: of(2900 * time.Millisecond),
		old: of(2500 * time.Millisecond), yield: time.Second, complete: of(2 * time.Second),
	}
}

// handler works on one interaction at a time per worker.
type handler struct {
	rest     *rest
	desk     Desk
	files    *downloader
	app      string
	log      *slog.Logger
	now      func() time.Time
	seen     seenIDs
	patience patience
}

func newHandler(c settled, r *rest, desk Desk) *handler {
	return &handler{rest: r, desk: desk, files: newDownloader(c), app: c.ApplicationID, log: c.Log, now: c.Now}
}

// errOtherApplication says that an event is not for us.
var errOtherApplication = errors.New("an interaction is for another application")

// read decodes an event, and says in the log why one can't be answered.
func (h *handler) read(raw []byte) (*Interaction, error) {
	i, odd, err := Decode(raw)
	if len(odd) > 0 {
		h.log.Info("an interaction holds what this program does not know", "what", odd)
	}
	switch {
	case errors.Is(err, ErrUnknownType):
		h.log.Warn("an interaction of a newer kind was left alone", "err", err)
		h.rest.watch.Interaction(eventUnreadable)
	case err != nil:
		h.log.Error("an interaction could not be read", "err", err)
		h.rest.watch.Interaction(eventUnreadable)
	case h.app != "" && i.ApplicationID != h.app:
		h.log.Error("an interaction is for another application", "application", printable(cutBytes(i.ApplicationID, 20)))
		return nil, errOtherApplication
	}
	return i, err
}

// accept reads an event, if nobody did, and drops what can't or must not be
// answered.
func (h *handler) accept(j job) *Interaction {
	i := j.i
	if i == nil {
		var err error
		if i, err = h.read(j.raw); err != nil {
			return nil
		}
	}
	switch {
	case !h.seen.first(i.ID, j.at):
		h.log.Debug("an interaction came twice")
		h.rest.watch.Interaction(eventTwice)
	case h.now().Sub(j.at) > h.patience.old:
		h.log.Warn("an interaction waited too long for a worker", "age", h.now().Sub(j.at))
		h.rest.watch.Interaction(eventTooOld)
	default:
		return i
	}
	return nil
}

// handle answers one event.
func (h *handler) handle(ctx context.Context, j job) {
	i := h.accept(j)
	if i == nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	switch i.Type {
	case TypePing:
		h.report(i, h.rest.answer(ctx, i, callback{Type: answerPong}, nil))
	case TypeAutocomplete:
		h.complete(ctx, i, j)
	default:
		h.run(ctx, i, j.at)
	}
}

// refuse tells the member that there are too many calls just now.
func (h *handler) refuse(ctx context.Context, j job) {
	i := h.accept(j)
	if i == nil || i.Type == TypePing || i.Type == TypeAutocomplete {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, h.patience.old)
	defer cancel()
	r := h.newResponse(i, j.at, chat.Foresight{Private: true})
	h.report(i, r.finish(ctx, refused(fault.New(fault.Busy, "too many people ask at once").Hint("try again in a few seconds"))))
}

// complete suggests values. It always answers, with nothing if need be, and
// with type 8 only: the service takes no other.
func (h *handler) complete(ctx context.Context, i *Interaction, j job) {
	inv, _ := toInvocation(i, j.at)
	within, done := context.WithTimeout(ctx, h.patience.complete)
	defer done()
	choices, err := h.desk.Complete(within, inv, i.Command.Focused)
	if err != nil {
		h.log.Warn("completion failed", "command", i.Command.Name, "err", err)
	}
	body := callback{Type: answerSuggestions, Data: renderChoices(choices)}
	if j.direct != nil {
		j.direct <- body
		return
	}
	ctx, cancel := context.WithDeadline(ctx, h.deadline(j.at))
	defer cancel()
	h.report(i, h.rest.answer(ctx, i, body, nil))
}

// deadline is when the service stops waiting for the first answer to what came
// at that time, on the real clock, which contexts go by.
func (h *handler) deadline(at time.Time) time.Time {
	return time.Now().Add(h.patience.answer - h.now().Sub(at))
}

// run answers a command, a press or a form: at once if that is quick, else
// after an announcement.
func (h *handler) run(ctx context.Context, i *Interaction, at time.Time) {
	inv, wanted := toInvocation(i, at)
	fore := h.foresee(ctx, inv, at)
	r := h.newResponse(i, at, fore)
	if (fore.Slow || len(wanted) > 0) && !fore.Form {
		if err := r.announce(ctx); err != nil && !isUnsure(err) {
			h.report(i, err)
			return
		}
	}
	release, err := h.fetchAll(ctx, &inv, wanted)
	defer release()
	if err != nil {
		h.logFile(err)
		h.report(i, r.finish(ctx, refused(err)))
		return
	}
	ans := h.await(ctx, r, inv, at)
	if err := r.finish(ctx, ans); err != nil {
		h.report(i, err)
		return
	}
	h.afterwards(ctx, i, inv, ans)
}

// foresee asks the desk what is to come while there is time to announce it. A
// desk that can't say, as its records don't answer, gives what is right for a
// refusal.
func (h *handler) foresee(ctx context.Context, inv chat.Invocation, at time.Time) chat.Foresight {
	ctx, cancel := context.WithTimeout(ctx, h.patience.foresee-h.now().Sub(at))
	defer cancel()
	return h.desk.Foresee(ctx, inv)
}

// await calls the desk and announces the answer when it takes long.
func (h *handler) await(ctx context.Context, r *response, inv chat.Invocation, at time.Time) chat.Answer {
	answered := make(chan chat.Answer, 1)
	go func() {
		defer func() {
			if p := recover(); p != nil {
				h.log.Error("panic in the dispatcher", "panic", p)
				answered <- refused(errors.New("panic"))
			}
		}()
		answered <- h.desk.Do(ctx, inv)
	}()
	within := h.patience.announce
	if r.fore.Form {
		within = h.patience.form
	}
	soon := time.NewTimer(max(within-h.now().Sub(at), 0))
	defer soon.Stop()
	select {
	case ans := <-answered:
		return ans
	case <-soon.C:
	}
	if err := r.announce(ctx); err != nil {
		h.log.Warn("an answer could not be announced", "err", err)
	}
	return <-answered
}

// fetchAll downloads the files of a call. release is never nil.
func (h *handler) fetchAll(ctx context.Context, inv *chat.Invocation, wanted map[string]RemoteFile) (release func(), err error) {
	var releases []func()
	release = func() {
		for _, free := range releases {
			free()
		}
	}
	if len(wanted) == 0 {
		return release, nil
	}
	inv.Files = make(map[string]chat.File, len(wanted))
	for _, option := range sortedKeys(wanted) {
		file, free, err := h.files.fetch(ctx, wanted[option])
		releases = append(releases, free)
		if err != nil {
			if f := fault.As(err); f != nil {
				f.In(option)
			}
			return release, err
		}
		inv.Files[option] = file
	}
	return release, nil
}

// logFile says why a file was not fetched, without its name: that is the
// member's own text.
func (h *handler) logFile(err error) {
	f := fault.As(err)
	if f == nil {
		h.rest.watch.FileRefused(fault.Internal)
		h.log.Error("a file was not fetched", "err", err)
		return
	}
	h.rest.watch.FileRefused(f.Code)
	h.log.Info("a file was not fetched", "code", string(f.Code), "option", f.Option, "cause", f.Unwrap())
}

// refused makes an answer of an error that came before the desk was asked.
func refused(err error) chat.Answer {
	f := fault.As(err)
	if f == nil {
		f = fault.New(fault.Internal, "something broke on our side").Hint("try again").Because(err)
	}
	return chat.Answer{Fault: f, Private: true}
}

// report logs what went wrong in answering. The interaction's token is in no
// error, and nothing here names what the member wrote.
func (h *handler) report(i *Interaction, err error) {
	if err == nil {
		return
	}
	h.log.Error("an interaction could not be answered", "type", i.Type, "err", err)
}
