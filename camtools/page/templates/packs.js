  // What is large lies in the page packed, base64 of gzip. A browser that can not unpack it shows what lies beside the page.
  const unpacking = {};
  function unpacked(id) {
    unpacking[id] = unpacking[id] || (async () => {
      const bytes = Uint8Array.from(atob(document.getElementById(id).textContent), (letter) => letter.charCodeAt(0));
      return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
    })();
    return unpacking[id];
  }

  const addressOf = (svg) => URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  const packed = document.querySelectorAll("img[data-from]");
  unpacked("pictures").then(JSON.parse).then((drawn) => {
    for (const picture of packed) picture.src = addressOf(drawn[picture.dataset.from]);
  }).catch(() => { for (const picture of packed) picture.src = picture.dataset.from; });

