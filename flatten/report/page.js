for (const button of document.querySelectorAll("button.copy")) {
  const lines = button.closest(".lines").querySelector("pre");
  const told = button.parentElement.querySelector("[role=status]");
  button.hidden = false;
  button.addEventListener("click", async () => {
    let copied = true;
    try {
      await navigator.clipboard.writeText(`${lines.textContent}\n`);
    } catch {
      getSelection().selectAllChildren(lines);
      copied = document.execCommand("copy");
    }
    told.textContent = copied ? button.dataset.copied : button.dataset.marked;
  });
}
addEventListener("beforeprint", () => {
  for (const folded of document.querySelectorAll("details:not([open])")) {
    folded.open = true;
    addEventListener("afterprint", () => { folded.open = false; }, { once: true });
  }
});
