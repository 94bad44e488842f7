// The live part of the leader's desk: the server's own words, asked for again
// and again. Where the server doesn't answer it says how old they are.

const part = document.getElementById("floor");

async function again() {
  try {
    const answer = await fetch(part.dataset.from, { cache: "no-store", signal: AbortSignal.timeout(5000) });
    if (answer.ok) {
      const text = await answer.text();
      if (text !== part.told) show(text);
      part.classList.remove("stale");
    } else part.classList.add("stale");
  } catch { part.classList.add("stale"); }
  setTimeout(again, document.hidden ? 5000 : Number(part.dataset.every));
}

// show puts the new text in place; focus stays on the same link.
function show(text) {
  part.told = text;
  const held = part.contains(document.activeElement) ? document.activeElement.getAttribute("href") : null;
  const page = new DOMParser().parseFromString(text, "text/html");
  part.replaceChildren(...page.body.childNodes);
  if (held) for (const a of part.querySelectorAll("a")) if (a.getAttribute("href") === held) { a.focus(); break; }
}

if (part) setTimeout(again, Number(part.dataset.every));
