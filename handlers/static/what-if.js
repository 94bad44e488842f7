// The margin moves while one types: the form is asked as its button would ask
// it, and the answer of the page that comes back takes the old one's place. The
// figures are the server's; nothing is reckoned here.
const form = document.getElementById("what-if");
let timer = 0;
let asking = null;

async function ask() {
  asking?.abort();
  asking = new AbortController();
  const query = new URLSearchParams(new FormData(form)).toString();
  const address = form.getAttribute("action") + "?" + query;
  const old = document.getElementById("answer");
  old.classList.add("waiting");
  try {
    const reply = await fetch(address, { signal: asking.signal });
    if (!reply.ok) throw new Error(String(reply.status));
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    const fresh = page.getElementById("answer");
    if (!fresh) throw new Error("no answer");
    document.getElementById("answer").replaceChildren(...fresh.childNodes);
    history.replaceState(null, "", address);
    old.classList.remove("waiting");
  } catch (e) {
    // An answer overtaken by the next is nothing; otherwise the button still works.
    if (e.name !== "AbortError") old.classList.remove("waiting");
  }
}

form.addEventListener("input", () => {
  clearTimeout(timer);
  timer = setTimeout(ask, 150);
});
