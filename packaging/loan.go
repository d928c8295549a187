package packaging

import (
	"example.com/moistheat/internal/ask"
	"example.com/moistheat/internal/lang"
)

// loan asks what is done with a set that is lent by others, before it is packed.
func (k *checker) loan() {
	l := ask.Some(k.p.Loan)
	lent := k.p.Loan != nil
	k.Ask(loanUncleaned, "/loan/cleaned").When(lent).Yes(l.Cleaned)
	k.Ask(loanUnproven, "/loan/proof").When(lent).
		Say("what", lang.Say("loan-proof: the sender's proof of decontamination")).
		Known(l.Proof != "")
	k.Ask(loanUnproven, "/loan/counted").When(lent).
		Say("what", lang.Say("loan-count: the count against the sender's list")).
		Yes(l.Counted)
}
