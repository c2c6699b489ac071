"use strict";
// Sends what is typed and pressed, and puts the answer's fragments into their places.
(() => {
  const page = document.body.dataset;
  const show = answer => {
    page.revision = answer.revision;
    page.news = answer.news;
    for (const [id, html] of Object.entries(answer.fragments)) document.getElementById(id).innerHTML = html;
    document.getElementById("message").textContent = answer.message;
  };
  const ask = async (what, body) => {
    const answer = await fetch(what, body && { method: "POST", body: JSON.stringify({ revision: +page.revision, ...body }),
      headers: { "Content-Type": "application/json" } });
    if (answer.status !== 204) show(await answer.json());
    return answer.ok;
  };
  const reckon = () => ask(`reckoned?revision=${page.revision}`);
  const edit = async one => { if (await ask("edit", { edits: [one] })) await reckon(); };
  document.addEventListener("change", event => {
    const { key } = event.target.dataset;
    if (key) edit({ do: "write", key, typed: event.target.value });
  });
  document.addEventListener("click", event => {
    const { edit: one, post, with: more, name } = event.target.dataset;
    if (one) edit(JSON.parse(one));
    if (post) ask(post, { ...JSON.parse(more || "{}"), ...(name && { name: document.getElementById(name).value }) });
  });
  setInterval(() => ask(`state?since=${page.news}`), 1000);
  reckon();
})();
