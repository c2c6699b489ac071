  // What is large lies in the page packed, base64 of gzip. A browser that can not unpack it shows what lies beside the page.
  const unpacking = {};
  function unpacked(id) {
    unpacking[id] = unpacking[id] || (async () => {
      const bytes = Uint8Array.from(atob(document.getElementById(id).textContent), (letter) => letter.charCodeAt(0));
      return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
    })();
    return unpacking[id];
  }

  const pictures = document.querySelectorAll("img[data-from]");
  unpacked("pictures").then(JSON.parse).then((drawn) => {
    for (const picture of pictures) picture.src = URL.createObjectURL(new Blob([drawn[picture.dataset.from]], { type: "image/svg+xml" }));
  }).catch(() => { for (const picture of pictures) picture.src = picture.dataset.from; });

