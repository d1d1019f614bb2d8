// What waits goes to the bench, in order and numbered, again and again until it is answered.

const PATIENCE_MS = 8000, RETRY_MS = 1000, MOST_AT_ONCE = 100;

/** Sends what waits. `hears` is told: `settled(entries, answer, waited)`, `gone()`, `here()`,
 * `refused(words)`, and `said(words)` where the bench could not keep it. */
export class Sending {
  constructor(told, waiting, hears) {
    this.told = told;
    this.waiting = waiting;
    this.hears = hears;
    this.busy = false;
    this.inHand = new Set(); // tokens that were given to the network
  }

  /** Send all that waits, until something has to be asked about. */
  async send() {
    if (this.busy) return;
    this.busy = true;
    let asks = false;
    try {
      while (!asks) {
        const entries = this.waiting.all().slice(0, MOST_AT_ONCE);
        if (!entries.length) break;
        for (const e of entries) this.inHand.add(e.token);
        const answer = await this.posted(entries);
        if (!answer) break;
        for (const outcome of answer.outcomes) this.drop(outcome.token);
        this.hears.settled(entries, answer);
        asks = answer.outcomes.some((o) => o.said === "asks");
      }
    } finally {
      this.busy = false;
    }
    if (this.waiting.all().length && !asks) setTimeout(() => this.send(), RETRY_MS);
  }

  drop(token) {
    this.waiting.drop(token);
    this.inHand.delete(token);
  }

  async posted(entries) {
    const acts = entries.map(({ by, number, since, ...act }) => ({
      ...act,
      ago_s: Math.max(0, (Date.now() - since) / 1000),
    }));
    let answer;
    try {
      answer = await fetch(`${this.told.at}/acts`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ key: this.told.key, acts }),
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      if (answer.ok) return await answer.json();
      if (answer.status === 401) this.hears.refused(this.told.words.unknownBrowser);
      else if (answer.status === 409) this.hears.refused((await answer.json()).words);
      else {
        if (answer.status === 507) this.hears.said((await answer.json()).words); // sent again
        this.hears.gone();
      }
    } catch {
      this.hears.gone();
    }
    return null;
  }
}
