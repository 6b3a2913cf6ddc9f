package store

import (
	"context"
	"fmt"
	"strings"

	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// FAQs lists the answers of the viewer's shop by topic.
func (s *Store) FAQs(ctx context.Context, v shop.Viewer) ([]shop.FAQ, error) {
	var all []shop.FAQ
	st := plain(`SELECT f.topic, f.answer, coalesce(m.name, ''), f.edited_at FROM faq f LEFT JOIN member m ON m.id = f.edited_by
		WHERE f.shop = ? ORDER BY f.topic_key`, int64(v.Shop.ID))
	err := s.reading().each(ctx, st, func(scan func(...any) error) error {
		var f shop.FAQ
		var at int64
		err := scan(&f.Topic, &f.Answer, &f.By, &at)
		f.At = instant(at)
		all = append(all, f)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list answers: %w", err)
	}
	return all, nil
}

// SetFAQ keeps an answer of the viewer's shop; an empty one removes it.
func (s *Store) SetFAQ(ctx context.Context, st shop.Stamp, topic, answer string) error {
	if err := fits("topic", "topic", topic, maxTopic); err != nil {
		return err
	}
	topic = strings.Join(strings.Fields(topic), " ")
	if topic == "" {
		return fault.New(fault.MissingOption, "the topic is empty").In("topic").Hint(`give it a word or two, such as topic:"vacuum pump"`)
	}
	if err := oneLine("topic", "topic", topic); err != nil {
		return err
	}
	if err := fits("answer", "answer", answer, maxAnswer); err != nil {
		return err
	}
	answer = strings.TrimSpace(answer)
	return s.write(ctx, st, func(t *txn) error {
		if err := t.mustManage(ctx, st.By); err != nil {
			return err
		}
		if answer == "" {
			return t.removeFAQ(ctx, st.By.Shop.ID, topic)
		}
		return t.putFAQ(ctx, st, s.cfg.Limits.FAQs, topic, answer)
	})
}

func (t *txn) removeFAQ(ctx context.Context, in shop.ID, topic string) error {
	n, err := t.exec(ctx, plain("DELETE FROM faq WHERE shop = ? AND topic_key = ?", int64(in), shop.NameKey(topic)))
	switch {
	case err != nil:
		return fmt.Errorf("remove answer: %w", err)
	case n == 0:
		return fault.New(fault.NotFound, "this shop has no answer on %s", topic).
			In("topic").Hint("see the topics with /shop faq")
	}
	return nil
}

func (t *txn) putFAQ(ctx context.Context, st shop.Stamp, most int, topic, answer string) error {
	var others int
	_, err := t.one(ctx, plain("SELECT count(*) FROM faq WHERE shop = ? AND topic_key <> ?", int64(st.By.Shop.ID), shop.NameKey(topic)), &others)
	switch {
	case err != nil:
		return fmt.Errorf("count answers: %w", err)
	case others >= most:
		return fault.New(fault.LimitReached, "this shop keeps %d answers, which is the most", others).
			In("topic").Hint("remove one that nobody asks for any more")
	}
	_, err = t.exec(ctx, plain(`INSERT INTO faq (shop, topic_key, topic, answer, edited_by, edited_at) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (shop, topic_key) DO UPDATE SET topic = excluded.topic, answer = excluded.answer,
		edited_by = excluded.edited_by, edited_at = excluded.edited_at`,
		int64(st.By.Shop.ID), shop.NameKey(topic), topic, answer, int64(st.By.Member.ID), millis(st.At)))
	if err != nil {
		return fmt.Errorf("set answer: %w", err)
	}
	return nil
}
