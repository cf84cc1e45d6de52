// Reading what the server answered to something sent without the page's help.

// The cookie is the newer one: somebody may have signed in again in another tab.
export function tokenOf(root) {
  const cookie = root.cookie.match(/(?:^|; )csrftoken=([^;]+)/);
  if (cookie) return cookie[1];
  const headers = JSON.parse(root.body.getAttribute("hx-headers") ?? "{}");
  return headers["X-CSRFToken"] ?? "";
}

const refusals = "[data-refusal], .errorlist li, .form-errors, .message--error";

function sentencesIn(text) {
  const answer = new DOMParser().parseFromString(text, "text/html");
  const found = Array.from(answer.querySelectorAll(refusals), (element) =>
    element.textContent.replace(/\s+/g, " ").trim(),
  );
  const said = answer.querySelector("[data-sentence]")?.textContent.trim();
  return { found: [...new Set(found.filter(Boolean))], said };
}

// taken: recorded. refused: with the sentences. later: not the entry's fault, try again.
export async function readAnswer(response) {
  if (response.status === 401 || (response.redirected && /\/sign-in\//.test(response.url))) {
    return { kind: "later", signedOut: true };
  }
  if (response.status >= 502) return { kind: "later", signedOut: false };
  const text = await response.text();
  const { found, said } = sentencesIn(text);
  if (response.ok && !found.length) return { kind: "taken" };
  const says = found.join(" ") || said || `${response.status} ${response.statusText}`;
  return { kind: "refused", says };
}

export function sentenceOf(text) {
  return sentencesIn(text).said ?? "";
}
